"""Writing a report whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from formpressure.errors import Refusal


def write_whole(path: Path, content: str | bytes) -> None:
    """Write through a neighbour file and rename, so that an earlier report stays whole.

    Raises Refusal where the folder is missing, read-only or full, and for what is there but no
    file: a device would be put away for the page.
    """
    if os.path.exists(path) and not os.path.isfile(path):  # which never raise
        raise Refusal("is there and not a file", "Name a file", file=str(path))
    temporary = ""
    try:
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        with os.fdopen(handle, "wb") as stream:
            stream.write(content.encode() if isinstance(content, str) else content)
            stream.flush()
            os.fsync(stream.fileno())
        Path(temporary).chmod(0o644)
        Path(temporary).replace(path)
    except OSError as error:
        if temporary:
            Path(temporary).unlink(missing_ok=True)
        why = error.strerror or str(error)
        raise Refusal(f"cannot be written ({why})", "Name another file", file=str(path)) from None

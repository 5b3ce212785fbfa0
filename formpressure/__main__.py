"""`python -m formpressure` is the command."""

import sys

from formpressure.cli import main

if __name__ == "__main__":
    sys.exit(main())

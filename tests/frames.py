"""What the tests of rails and walls share: how near is near, and concrete that rises in steps."""

import numpy as np

from formpressure.statics.load import LineLoad


def near(found, wanted, size=None, within=1e-9):
    """Equal within a share of `size`, by default of the largest number wanted."""
    wanted = np.asarray(wanted)
    size = np.abs(wanted).max() if size is None else size
    np.testing.assert_allclose(found, wanted, rtol=0, atol=within * size)


def rising(surface):
    """Liquid head below each surface level: one case for each."""
    return LineLoad(np.stack([0 * surface, surface], -1), np.stack([surface, 0 * surface], -1))

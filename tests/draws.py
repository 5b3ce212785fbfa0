"""Inputs of any pressure rule, drawn inside its ranges: arrays of numbers, choices for the rest."""

import numpy as np

from formpressure.rule import CHOICES, CHUNK

# Bare spans by term: inch-pound, metric. A rule's own ranges cut them.
SPANS = {
    "height": ((1.0, 30.0), (0.3, 9.0)), "form_height": ((2.0, 40.0), (0.5, 12.0)),
    "unit_weight": ((80.0, 180.0), (13.0, 28.0)), "rate": ((0.1, 25.0), (0.03, 8.0)),
    "temperature": ((35.0, 105.0), (1.0, 41.0)), "slump": ((0.0, 8.0), (0.0, 200.0)),
    "vibration_depth": ((0.0, 5.0), (0.0, 1.5)), "setting_time": ((1.0, 25.0), (1.0, 25.0)),
    "setting_temperature": ((35.0, 105.0), (1.0, 41.0)),
    "fly_ash": ((0.0, 60.0), (0.0, 60.0)), "slag": ((0.0, 90.0), (0.0, 90.0)),
}  # fmt: skip
TEXTS = {"cement": ("I", "IL", "CEM I", "ordinary Portland", "low-heat Portland")}
SINGLE = ("fly_ash", "slag", "slump", "vibration_depth")  # a kernel takes these one at a time
UNKNOWN = {"element": "larger", "self_consolidating": False, "from_base": False}
SELDOM = ("self_consolidating", "from_base")  # they leave nothing but liquid head
COUNT = 60
assert COUNT < CHUNK


def span(rule, term):
    """Bounds to draw a term from, inside the range of the document."""
    low, high = SPANS[term][rule.system == "SI"]
    for limit in rule.ranges:
        if limit.term == term and not limit.only:
            low, high = max(low, limit.least), min(high, limit.most)
    return low, high


def inputs(rule, rng, count=COUNT, blanks=0.03):
    """One set of inputs; numbers are arrays of `count`, but where the kernel takes single ones."""
    given = {}
    for term in rule.terms:
        wanted = [limit.only for limit in rule.ranges if limit.term == term and limit.only]
        if term in SPANS:
            low, high = span(rule, term)
            size = None if term in SINGLE else count
            given[term] = rng.uniform(low, high, size)
            if term in ("fly_ash", "slag") and rng.random() < 0.6:
                given[term] = low
        elif wanted:
            given[term] = wanted[0][rng.integers(len(wanted[0]))]
        elif term == "vibration":
            given[term] = "internal" if rng.random() < 0.8 else str(rng.choice(CHOICES[term]))
        elif term in CHOICES:
            given[term] = str(rng.choice(CHOICES[term]))
        elif term in TEXTS:
            given[term] = str(rng.choice(TEXTS[term]))
        elif term in SELDOM:
            given[term] = bool(rng.random() < 0.05)
        elif term != "chemistry":
            given[term] = bool(rng.random() < 0.5)
    if given.get("consistency") == "SCC":
        given["vibration"] = "none"
    for term in given:
        if term not in ("height", "unit_weight", "rate") and rng.random() < blanks:
            given[term] = UNKNOWN.get(term)
    return given


def one(given, k):
    """Element `k` of every array."""
    return {t: float(v[k]) if np.ndim(v) else v for t, v in given.items()}

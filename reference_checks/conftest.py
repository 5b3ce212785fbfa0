"""Print how many published rows were compared, by label, at the end of a run."""

from collections import Counter

from hypothesis import settings

settings.register_profile("steady", deadline=None, derandomize=True)
settings.load_profile("steady")  # the same drawn cases in every run

COMPARED: Counter[str] = Counter()


def pytest_configure(config):
    config.published_rows = COMPARED


def pytest_terminal_summary(terminalreporter):
    if COMPARED:
        counts = ", ".join(f"{label} {n}" for label, n in sorted(COMPARED.items()))
        terminalreporter.write_line(f"published rows compared: {counts}")

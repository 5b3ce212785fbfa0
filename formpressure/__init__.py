"""formpressure: may these wall forms be filled straight up, and if not, how fast?

From a plan file: lateral pressure of fresh concrete by published documents, the load on every
tie, a verdict made of named checks, and the rates of placement that the forms allow. Public
names load on first use, so that `import formpressure` itself costs nothing.
"""

__version__ = "0.1.0"

_HOME = {
    "Q": "units",
    "Refusal": "errors",
    "OutOfRange": "errors",
    "Status": "records",
    "Check": "records",
    "Clause": "records",
    "Plan": "plan",
    "load_plan": "plan_file",
    "read_plan": "plan_file",
    "what_if": "plan_file",
    "Envelope": "envelope",
    "RULES": "rule",
    "check": "verdict",
    "Verdict": "verdict",
    "rates": "table",
    "Rates": "table",
    "margins": "margin",
    "Margins": "margin",
    "input_spread": "spread",
    "InputSpread": "spread",
    "compare": "comparison",
    "Comparison": "comparison",
    "missing_tie_study": "study",
    "Study": "study",
    "what_helps": "helps",
    "batch": "job.mix",
    "mix_temperature": "job.mix",
    "evaporation": "job.drying",
    "setting_time": "job.setting",
    "equivalent_age": "job.setting",
    "loading_list": "job.counts",
    "straighten": "job.plumb",
    "far_end": "job.plumb",
    "strip_times": "job.strip",
    "load_log": "job.pour_log",
    "add_line": "job.pour_log",
    "follow": "progress",
    "Progress": "progress",
}

__all__ = sorted(_HOME)


def __getattr__(name: str) -> object:
    if name in _HOME:
        import importlib  # here, so that a bare import of the package costs nothing

        return getattr(importlib.import_module(f"{__name__}.{_HOME[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return [*__all__, "__version__"]

"""Registers the marker of the comparisons that need packages the project does not depend on."""


def pytest_configure(config):
    config.addinivalue_line("markers", "packages: needs a general frame package; see test_packages")

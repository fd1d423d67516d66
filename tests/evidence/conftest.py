"""The small job of the gates' tests: evidence needs work that has begun."""

from tests.gates.conftest import site

__all__ = ["site"]

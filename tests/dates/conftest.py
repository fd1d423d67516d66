"""The fixtures of the floor below: a cast, and plans that a test makes stand."""

from tests.projects.conftest import cast, derivation, stands

__all__ = ["cast", "derivation", "stands"]

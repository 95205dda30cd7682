"""Tests, the outside simulator and the generator of the demo."""

"""Clampings, the search over their order, figures and words of the plan."""

"""Foldsketch: paper models and set-up sheets for turned parts whose round features do not share one axis."""

"""Nets: skins cut along some edges and laid flat, with tabs and marks; and the check that folds them up again."""

"""Sheets: paper, scale, packing and everything that is drawn on a page."""

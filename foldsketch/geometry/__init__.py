"""Plane geometry that several floors need: loops of corners, rasters, clearances, areas with ragged edges."""

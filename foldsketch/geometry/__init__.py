"""Geometry of the plane for several floors: loops of corners, polygons in bulk, box clearance, grids, graphs."""

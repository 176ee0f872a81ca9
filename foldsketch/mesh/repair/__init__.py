"""Repair: what a file holds becomes closed bodies with their triangles outward."""

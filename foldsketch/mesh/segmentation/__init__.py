"""Segmentation: which triangles are on which plane, cylinder, cone, sphere or torus."""

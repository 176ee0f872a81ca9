"""STEP and IGES: the kernel's process, its triangles and exact faces, and what the file says of itself."""

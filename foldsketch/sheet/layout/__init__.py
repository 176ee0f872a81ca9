"""Paper, the packing of nets on it, and free places beside them."""

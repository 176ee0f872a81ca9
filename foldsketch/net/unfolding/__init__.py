"""Which edges are folded and which are cut, and the flat layout that follows."""

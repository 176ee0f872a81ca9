"""The by-hand page: the same model from blank paper, with ruler and scissors."""

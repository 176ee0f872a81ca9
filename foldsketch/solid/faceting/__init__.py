"""Round features to prisms."""

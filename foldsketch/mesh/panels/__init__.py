"""A mesh without round features as few flat panels."""

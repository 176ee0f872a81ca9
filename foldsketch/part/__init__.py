"""Part: what the user wants to talk about, features on axes."""

"""How the model is built, step by step, with a picture each."""

"""What is printed on panels: centres, datum lines, names, numbers, offsets."""

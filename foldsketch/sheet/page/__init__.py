"""What is drawn on a sheet: nets, legend, small pictures, backs."""

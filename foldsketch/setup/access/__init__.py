"""What an off-centre part sweeps, and whether a tool gets there."""

"""What ties, panels and members may carry."""

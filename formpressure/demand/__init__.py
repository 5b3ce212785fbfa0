"""What ties and members must carry."""

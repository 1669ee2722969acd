"""What leaves the house on paper and screens, drawn from plain view data."""

"""What a figure is drawn from: shapes, looks, seats."""

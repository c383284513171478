"""The room: acoustics and sight lines."""

"""What a class has shown, in SQLite; never a pupil's name."""

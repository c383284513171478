"""The hall, live: conductor, speaker, window and remote keys."""

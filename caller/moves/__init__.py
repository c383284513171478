"""The catalogue of moves: effort, safety, poses, and which two make a fair pair."""

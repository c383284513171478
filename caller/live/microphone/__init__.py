"""The microphone as a level meter, and waiting for quiet."""

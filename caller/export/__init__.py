"""The timeline walked into files: audio, video, captions and the sheet."""

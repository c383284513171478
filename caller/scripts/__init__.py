"""Teachers' files: TOML read and written, with every mistake at its line and column; knows no lesson."""

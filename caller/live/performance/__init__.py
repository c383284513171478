"""One run sheet led in the hall: which call comes, pauses, teaching again."""

"""Times, hands, mix-ups and the ladder: pure, importing nothing of ours."""

"""Times, hands, wording, reasons, mix-ups and the ladder: pure, importing nothing of ours."""

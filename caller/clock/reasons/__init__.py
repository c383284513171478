"""Why it is that time: the reason read off the two hands, clause by clause, each with its picture."""

from __future__ import annotations

from caller.clock.reasons.clauses import Clause, reason, why_wrong

__all__ = ["Clause", "reason", "why_wrong"]

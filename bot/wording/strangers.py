"""What somebody hears who is not on the list."""

NEUTRAL = "This bot works for a team. If you belong to it, ask its owner for a code."

"""What the bot says, one file a subject. Pure; rounding happens here and only here."""

"""Telegram, terminal, replay, JSON lines, the alarm and the outbox drain. A door translates and nothing else."""

"""Text to items: what a message means. Pure: no store, chat, clock or thread; all it knows is the Situation."""

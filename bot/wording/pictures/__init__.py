"""Pictures for the chat: pure layouts in greys (scene.py says of what they are made), and their pencil."""

"""What can be texted, in one screen."""

HELP = """Text what you see and do: "78.4 ph 8.2 no3 12", "20% wc, 1 firefish lost"
Waits: "net in bleach 15 min", "floating 2 bags", "return off 10 min"; "status" lists them
Sums: "salt for 40 L to 1.025". Wrong? undo, edit it, or "ph was 8.1 not 7.1"
"here TANK" on arrival, "leaving" on going. Deleting a message does nothing"""

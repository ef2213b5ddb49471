"""The desk: pages for the people who do this work all day, over the same tasks as the commands.

A handler reads what was typed, calls a task, and shows what it found. `desking.make` builds the whole,
`serving.serve` runs it. A room is a module in `rooms/`.
"""

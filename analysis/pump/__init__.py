"""What the pump delivers through hose and core, and each pull with it."""

"""The one command: parses, calls a service, prints. Each command is loaded only when it is called."""

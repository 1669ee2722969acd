"""One function for each thing that a person does. It names what it needs as protocols; `app` wires the rest."""

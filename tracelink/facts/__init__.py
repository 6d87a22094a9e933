"""What one room hands to another to be shown: frozen dataclasses, so that who finds and who prints need not meet."""

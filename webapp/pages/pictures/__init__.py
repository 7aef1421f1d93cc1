"""Pictures drawn on the server as SVG with real text. Imported only when one is asked for: matplotlib is heavy."""

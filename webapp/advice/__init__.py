"""The use cases: from a brief to advice. Wires catalogue, thermal, decision and kitchen; knows nothing of Flask."""

"""The schema's history: one module a step in ``versions``; ``webapp.records.schema`` walks them."""

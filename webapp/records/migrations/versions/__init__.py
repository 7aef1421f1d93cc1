"""One module a step, named by its number; a step that was released is never changed."""

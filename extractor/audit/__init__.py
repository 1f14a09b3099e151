"""A draft and what machines logged -> where they agree and where they do not. Sits on top, beside the pipeline."""

"""The desk's HTTP API: JSON in and out, under ``/api``; a module a subject. docs/desk.md lists its routes."""

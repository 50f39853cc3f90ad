"""The HTTP API and the page: `app.create_app(settings)` wires everything, a module a noun."""

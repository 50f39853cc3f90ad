"""Routes on goods in store, on finding things again, and on records without a consignment."""

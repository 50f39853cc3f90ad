"""Seeded photographs of invented respirators and packs, with the exact truth of their print.

schemes -> layout (a plate of ink in millimetres) -> surface, camera, unit (painted on a shape)
-> scene (ground, straps, hands, light) -> optics (lens, sensor, file) -> truth (measured again in
the finished picture). `photo.render_photo` makes a photograph, `line.render_line` a line strip.
"""

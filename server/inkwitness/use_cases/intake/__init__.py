"""What comes with goods: papers, what was declared of them, what they are meant for."""

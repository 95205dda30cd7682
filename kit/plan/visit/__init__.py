"""What a visit takes along: kit, power, medicine, and its time line."""

"""What an uploaded mesh may weigh, and what reading it may use. The table in the developers' guide is made from this.

| limit | value |
|---|---|
| file | 250 MB |
| triangles (polygons are split first) | 3 000 000 |
| corners listed in the file | 9 000 000 |
| one line of a text file | 65 536 bytes |
| largest extent of the piece | 20 m |
| smallest largest extent | 1 mm |
| levels of parts within parts | 200 |
| files in a 3MF archive | 1 000 |
| a 3MF archive unpacked | 600 MB, 100 times its size |
| memory of the reading process | 1.5 GiB |
| processor time of the reading process | 20 s, 60 s above 40 MB |
| time by the clock | 30 s, 90 s above 40 MB |
| memory, processor time and time by the clock of a study of the shape | 1.5 GiB, 60 s, 120 s |
| file of drawings that a study leaves | 400 MB |
"""

MAX_FILE_BYTES = 250_000_000
MAX_FACES = 3_000_000
MAX_VERTICES = 9_000_000
MAX_LINE_BYTES = 65_536
MAX_LEVELS = 200
MAX_ZIP_ENTRIES = 1_000
MAX_UNPACKED_BYTES = 600_000_000
MAX_UNPACKED_RATIO = 100
MAX_EXTENT_MM = 20_000.0
MIN_EXTENT_MM = 1.0
MEMORY_BYTES = 3 * 512 * 1024 * 1024
BIG_FILE_BYTES = 40_000_000
CPU_S = 20
CPU_BIG_S = 60
WALL_S = 30.0
WALL_BIG_S = 90.0
STUDY_CPU_S = 60
STUDY_WALL_S = 120.0
STUDY_FILE_BYTES = 400_000_000

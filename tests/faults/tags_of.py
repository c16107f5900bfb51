# SPDX-License-Identifier: GPL-3.0-or-later
"""Prints the tags and attribute names of HTML, SVG or XML files, a line a tag, text left out.

python3 tags_of.py FILE...   Files other than .html must be well-formed XML.
"""
import sys
import xml.sax
from html.parser import HTMLParser


class HtmlTags(HTMLParser):
    def handle_starttag(self, tag, attributes):
        print(tag, *(name for name, _ in attributes))

    def handle_comment(self, data):
        print("comment")

    def handle_decl(self, decl):
        print("declaration")


class XmlTags(xml.sax.ContentHandler):
    def startElement(self, tag, attributes):
        print(tag, *attributes.getNames())

    def processingInstruction(self, target, data):
        print("instruction", target)


for file in sys.argv[1:]:
    with open(file, encoding="utf-8") as text:
        content = text.read()
    if file.endswith(".html"):
        HtmlTags().feed(content)
    else:
        xml.sax.parseString(content.encode("utf-8"), XmlTags())

/* What pictures share. */
#include "show/picture.h"

static const char style[] =
    "<style>text{font:11px 'DejaVu Sans',Verdana,Arial,sans-serif;fill:" INK_BLACK "}"
    ".small{font-size:9.5px}.strong{font-weight:bold}.quiet{fill:" INK_GREY "}"
    ".turned{fill:#fff;font-weight:bold}</style>";

void picture_begin(struct page *page, const struct picture *picture, double width, double height,
                   const char *title, const char *description)
{
    unsigned number = ++*picture->number;
    markup(page,
           "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"picture\" role=\"img\" "
           "viewBox=\"0 0 %f %f\" width=\"%f\" height=\"%f\" "
           "aria-labelledby=\"title-%u words-%u\">\n",
           width, height, width, height, number, number);
    markup(page, "<title id=\"title-%u\">%s</title>\n<desc id=\"words-%u\">%s</desc>\n", number,
           title, number, description);
    if (picture->alone) {
        page_raw(page, style);
        ink_patterns(page);
        markup(page, "\n<rect width=\"%f\" height=\"%f\" fill=\"#fff\"/>\n", width, height);
    }
}

void picture_end(struct page *page)
{
    page_raw(page, "</svg>\n");
}

void picture_text(struct page *page, double x, double y, const char *anchor, const char *class,
                  const char *text)
{
    markup(page, "<text x=\"%f\" y=\"%f\"", x, y);
    if (anchor[0] != 's') {
        markup(page, " text-anchor=\"%s\"", anchor);
    }
    if (class[0]) {
        markup(page, " class=\"%s\"", class);
    }
    markup(page, ">%s</text>\n", text);
}

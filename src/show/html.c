#include "show/html.h"

/*
 * The look: black ink on paper, thin rules, one dark blue for what can be followed. Nothing is told
 * by colour alone. Rules and borders carry the frames, as a printer leaves out backgrounds.
 */
static const char style[] =
    ":root{color:#16202a;background:#fff;font:16px/1.45 'DejaVu Sans',Verdana,Arial,sans-serif}\n"
    "*{box-sizing:border-box}body{max-width:62rem;margin:0 auto;padding:1rem}\n"
    "h1{font-size:1.5rem;line-height:1.2;margin:0 0 .5rem}"
    "h2{font-size:1.15rem;margin:1.8rem 0 .6rem;border-bottom:2px solid #16202a}\n"
    "h3{font-size:1rem;margin:0 0 .3rem}p,ul,ol{margin:.3rem 0}ul,ol{padding-left:1.3rem}\n"
    "h1,h2,h3,p,li,dd,td,th,figcaption,bdi{overflow-wrap:anywhere}\n"
    "a{color:#0b4f6c}.quiet{color:#4a5661}.mono{font-family:'DejaVu Sans Mono',monospace;"
    "font-size:.85em}\n"
    ".answer{border:4px solid #16202a;border-left-width:20px;padding:.7rem 1rem}\n"
    ".answer p{margin:.2rem 0}.answer .word{font-size:1.9rem;font-weight:bold;line-height:1.15}\n"
    ".answer.no{border-width:8px;border-left-width:20px}\n"
    ".answer.unknown{border-style:dashed}.answer.yes{border-width:2px;border-left-width:20px}\n"
    "dl{display:grid;grid-template-columns:9rem 1fr;gap:.15rem .8rem;margin:.4rem 0}\n"
    "dt{color:#4a5661}dd{margin:0;min-width:0}dd p{margin:0}\n"
    "@media(max-width:34rem){dl{display:block}dd{margin:0 0 .4rem}}\n"
    ".item{border-top:1px solid #8b97a1;padding:.7rem 0}.typed{font-weight:bold}\n"
    ".outcome{white-space:normal}.outcome.stay{font-weight:bold}\n"
    ".swatch{vertical-align:-2px;margin-right:.4em}\n"
    ".maps,.charts{display:flex;flex-wrap:wrap;gap:1rem;align-items:flex-start}\n"
    "figure{margin:0;min-width:0;max-width:100%;break-inside:avoid}\n"
    ".picture{max-width:100%;height:auto;display:block}\n"
    ".picture text{font:11px 'DejaVu Sans',Verdana,Arial,sans-serif;fill:#16202a}"
    ".picture .small{font-size:9.5px}.picture .strong{font-weight:bold}"
    ".picture .quiet{fill:#4a5661}.picture .turned{fill:#fff;font-weight:bold}\n"
    ".wide{overflow-x:auto}table{border-collapse:collapse;width:100%}\n"
    "th,td{border:1px solid #8b97a1;padding:.25rem .4rem;text-align:left;vertical-align:top}\n"
    "th{font-weight:bold}caption{text-align:left;font-weight:bold;padding:.3rem 0}\n"
    ".document td,.document th{overflow-wrap:break-word}.document table{width:auto;min-width:50%}"
    ".document h3{margin-top:1.3rem}.document .outcome{white-space:nowrap}"
    ".wide .picture{max-width:none}.document figure{margin:.6rem 0}\n"
    ".legend{list-style:none;padding:0;display:flex;flex-wrap:wrap;gap:.2rem 1.2rem}\n"
    ".sign{display:grid;grid-template-columns:repeat(auto-fit,minmax(14rem,1fr));gap:.6rem}\n"
    ".sign div{border:1px solid #16202a;min-height:4.2rem;padding:.3rem .5rem}\n"
    ".sign .tall{min-height:6.5rem}.patterns{position:absolute}\n"
    ".sheet table{margin:.3rem 0}.close{columns:24rem 2;column-gap:1.8rem}.close li{break-inside:avoid}"
    ".part{white-space:nowrap}.sheet .box{width:2.4rem;text-align:center;color:#4a5661}"
    ".sheet .blank td{height:1.9rem}.fields{display:grid;gap:.3rem;"
    "grid-template-columns:repeat(auto-fit,minmax(11rem,1fr));margin:.5rem 0}"
    ".fields div{border:1px solid #16202a;min-height:2.4rem;padding:.1rem .3rem;color:#4a5661;"
    "font-size:.85em}.tick{display:inline-block;width:1em;height:1em;border:1px solid #16202a;"
    "vertical-align:-.15em;margin:0 .2em 0 .7em}\n"
    "@page{size:A4;margin:13mm}\n"
    "@media print{:root{font-size:10.5px}body{max-width:none;padding:0}"
    ".item,.sign,.answer,tr{break-inside:avoid}h2,h3{break-after:avoid}a{color:inherit}}\n";

void html_begin(struct page *page, const char *title)
{
    markup(page,
           "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
           "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n"
           "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
           "style-src 'unsafe-inline'\"/>\n"
           "<link rel=\"icon\" href=\"data:,\"/>\n"
           "<title>%s</title>\n<style>\n",
           title);
    page_raw(page, style);
    page_raw(page, "</style>\n</head>\n<body>\n<svg class=\"patterns\" width=\"0\" height=\"0\" "
                   "aria-hidden=\"true\">");
    ink_patterns(page);
    page_raw(page, "</svg>\n");
}

void html_end(struct page *page)
{
    page_raw(page, "</body>\n</html>\n");
}

void html_heading(struct page *page, const char *name, const char *heading)
{
    markup(page, "<h2 id=\"%s\">%s</h2>\n", name, heading);
}

void html_row(struct page *page, const char *label)
{
    markup(page, "<dt>%s</dt><dd>", label);
}

void html_cautions(struct page *page, const char *const *cautions, size_t count)
{
    page_raw(page, "<ul class=\"cautions\">\n");
    for (size_t i = 0; i < count; i++) {
        markup(page, "<li><bdi>%s</bdi></li>\n", cautions[i]);
    }
    page_raw(page, "</ul>\n");
}

void html_rests_on(struct page *page, const struct stave_book_facts *book,
                   const struct stave_digest *texts, size_t count)
{
    markup(page, "<p>Book <strong>%s</strong>%s%s, edition <strong>%s</strong>", book->id,
           book->model[0] ? ", model " : "", book->model, book->edition);
    if (book->dated[0]) {
        markup(page, " dated %s", book->dated);
    }
    if (book->title[0]) {
        markup(page, ": <bdi>%s</bdi>", book->title);
    }
    page_raw(page, ".</p>\n<ul>\n");
    for (size_t i = 0; i < count; i++) {
        markup(page, "<li><bdi>%s</bdi><br/>SHA-256 <span class=\"mono\">%s</span></li>\n",
               texts[i].name, texts[i].sha256);
    }
    markup(page, "</ul>\n<p class=\"quiet\">Made by stave %s.</p>\n", stave_version());
}

static void write_due_state(struct page *page, const struct stave_deadline *deadline)
{
    const char *left = deadline->left ? deadline->left : "";
    bool nothing = left[0] == '0' && left[1] == ' ';
    switch (deadline->state) {
    case STAVE_DUE_SET:
        break;
    case STAVE_DUE_RUNNING:
        markup(page, ": %s left", left);
        break;
    case STAVE_DUE_MET:
        page_raw(page, ": done in time");
        break;
    case STAVE_DUE_LATE:
        markup(page, ": done, <strong>%s late</strong>", left);
        break;
    case STAVE_DUE_OVERDUE:
        markup(page, ": <strong>%s%s</strong>", nothing ? "due now" : "overdue by ",
               nothing ? "" : left);
        break;
    case STAVE_DUE_UNKNOWN:
        page_raw(page, ": <strong>whether it is due is not known</strong> without cycles in both "
                       "records");
        break;
    }
}

void html_deadline(struct page *page, const struct stave_deadline *deadline)
{
    markup(page, "%s within <strong>%s</strong>", deadline->look_again ? "look again" : "act",
           deadline->within);
    if (deadline->set) {
        markup(page, " (set %s)", deadline->set);
    }
    if (deadline->due) {
        markup(page, ", that is by <strong>%s</strong>", deadline->due);
    }
    if (deadline->source && deadline->source[0]) {
        markup(page, ", per <bdi>%s</bdi>", deadline->source);
    }
    write_due_state(page, deadline);
}

void html_legend(struct page *page, const struct stave_book_facts *book, size_t count)
{
    page_raw(page, "<ul class=\"legend\">\n");
    for (size_t i = 0; i < count; i++) {
        page_raw(page, "<li>");
        ink_outcome(page, book, (uint32_t)i);
        page_raw(page, "</li>\n");
    }
    page_raw(page, "</ul>\n");
}

/* What the public may know of a book. */
#include "book/family.h"
#include "verdict/verdict.h"

static size_t count_figures(const struct book *book)
{
    size_t count = 0;
    for (uint32_t i = 0; i < book->curve_count; i++) {
        count += book->curves[i].point_count;
    }
    for (uint32_t i = 0; i < book->limit_count; i++) {
        const struct limit *limit = &book->limits[i];
        for (uint32_t r = 0; r < limit->rung_count; r++) {
            for (uint32_t c = 0; c < limit->rungs[r].condition_count; c++) {
                count += limit->rungs[r].conditions[c].sort == CONDITION_COMPARE;
            }
        }
    }
    return count;
}

const struct stave_book_facts *facts_make(struct arena *arena, const struct book *book)
{
    struct stave_book_facts *facts = ARENA_NEW(arena, struct stave_book_facts);
    struct stave_outcome *scale = ARENA_ARRAY(arena, struct stave_outcome, book->scale_count);
    for (uint32_t i = 0; i < book->scale_count; i++) {
        scale[i] = (struct stave_outcome){book->scale[i].name, book->scale[i].meaning,
                                          book->scale[i].flight};
    }
    struct stave_digest *texts = ARENA_ARRAY(arena, struct stave_digest, book->source_count);
    for (uint32_t i = 0; i < book->source_count; i++) {
        texts[i] = (struct stave_digest){book->sources[i]->name, book->sources[i]->sha256};
    }
    *facts = (struct stave_book_facts){
        .id = book->id,
        .model = book->model ? book->model->name : "",
        .where = book->model ? book->model->where : "",
        .title = book->title,
        .edition = book->edition,
        .dated = book->dated,
        .models = book->models,
        .model_count = book->model_count,
        .scale = scale,
        .scale_count = book->scale_count,
        .cautions = book->cautions,
        .caution_count = book->caution_count,
        .texts = texts,
        .text_count = book->source_count,
        .limit_count = book->limit_count,
        .example_count = book->example_count,
        .figure_count = count_figures(book),
        .as_read = book->as_read,
    };
    return facts;
}

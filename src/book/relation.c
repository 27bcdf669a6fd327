/* Relations in words, and which way they bound. */
#include "book/book.h"

const char *relation_text(enum tree_relation relation)
{
    switch (relation) {
    case TREE_UP_TO:
        return "up to";
    case TREE_BELOW:
        return "below";
    case TREE_AT_LEAST:
        return "at least";
    case TREE_OVER:
        return "over";
    }
    return "";
}

bool relation_is_upper(enum tree_relation relation)
{
    return relation == TREE_UP_TO || relation == TREE_BELOW;
}

bool relation_is_strict(enum tree_relation relation)
{
    return relation == TREE_BELOW || relation == TREE_OVER;
}

#include "sow/yaml.h"

#include <string.h>

#include "base/unicode.h"

/* What readers of YAML 1.1 and 1.2 take for a truth value or for nothing. */
static bool is_word(rush_text text)
{
    static const char *const words[] = {"y",   "n",    "yes",   "no",  "on",
                                        "off", "true", "false", "null"};
    char folded[RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(text, folded);
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (length != SIZE_MAX &&
            rush_text_equal((rush_text){folded, length}, rush_text_of(words[i])))
            return true;
    return false;
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (unsigned char)c >= 0x80;
}

/* Letters, digits and harmless signs, a letter or a bracket in front: nothing that YAML could mean. A date
 * or a number begins otherwise. */
static bool can_stand_bare(rush_text text)
{
    if (!text.length || !(is_letter(text.at[0]) || text.at[0] == '(') ||
        text.at[text.length - 1] == ' ')
        return false;
    for (size_t i = 0; i < text.length; i++) {
        char c = text.at[i];
        if (!is_letter(c) && !(c >= '0' && c <= '9') && !strchr(" -_.()'/+", c))
            return false;
        if (c == '\0')
            return false;
    }
    return !is_word(text);
}

void rush_yaml_text(rush_text text, rush_buffer *buffer)
{
    if (can_stand_bare(text)) {
        rush_buffer_add(buffer, text);
        return;
    }
    rush_buffer_byte(buffer, '\'');
    for (size_t i = 0; i < text.length; i++) {
        if (text.at[i] == '\'')
            rush_buffer_byte(buffer, '\'');
        rush_buffer_byte(buffer, text.at[i]);
    }
    rush_buffer_byte(buffer, '\'');
}

/* The parts of a handout, while it is put together.
 *
 * Layer: report. */
#ifndef RUSH_REPORT_SHEET_H
#define RUSH_REPORT_SHEET_H

#include "report/document.h"

#include "rushlight/apart.h"

typedef struct rush_sheet {
    rush_builder builder;
    const rush_sheet_request *request;
    const rush_key *key;
    const rush_part *part;
    uint32_t language;
    const rush_marks *marks;
    uint32_t *cited; /* by source: its number in the list, from 1; 0: not cited */
    uint32_t cited_count;
    RUSH_LIST(const rush_figure *) drawn; /* all that are in the sheet, for their credits */
    const rush_apart *apart;              /* the pair that is written; or NULL */
} rush_sheet;

/* sheet_pictures.c. A drawing of the key's, `width` mm wide. */
rush_picture rush_sheet_drawing(rush_sheet *sheet, const rush_figure *figure, double width);
/* Black up to the least length, white up to the greatest, in mm; markup for a picture of that many mm. */
bool rush_sheet_size(rush_sheet *sheet, uint32_t character, double least, double greatest,
                     rush_picture *picture);
rush_picture rush_sheet_season(rush_sheet *sheet, uint32_t character, const double *months);
rush_picture rush_sheet_ruler(rush_sheet *sheet);
/* Millimetres in a unit of length; 0 for another unit. */
double rush_sheet_unit(const char *unit);

/* The sections: sheet_key.c, sheet_drawings.c, sheet_alike.c, sheet_taxon.c */
void rush_sheet_key(rush_sheet *sheet);
void rush_sheet_drawings(rush_sheet *sheet);
void rush_sheet_look_alikes(rush_sheet *sheet);
void rush_sheet_taxa(rush_sheet *sheet);

rush_wording rush_sheet_wording(rush_sheet *sheet);
/* Ids of a taxon's account, of a couplet and of a source. */
const char *rush_sheet_taxon_id(rush_sheet *sheet, uint32_t taxon);
const char *rush_sheet_couplet_id(rush_sheet *sheet, uint32_t couplet);
const char *rush_sheet_source_id(rush_sheet *sheet, uint32_t number);
/* What is shown, but for the states that less than a part of the insects show. */
void rush_sheet_tell(rush_sheet *sheet, rush_teller *teller, uint32_t character,
                     const rush_showing *showing, double least);
/* In how many taxa of the part half of the insects of some form, or more, show a state. */
uint32_t rush_sheet_showing(const rush_sheet *sheet, uint32_t character, uint32_t state);

#endif

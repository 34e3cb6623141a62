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
    uint32_t *order; /* characters that are marks, the most telling first */
    uint32_t order_count;
    bool *common; /* by character: all forms of the part show the same of it */
    bool *cited;  /* by source */
    RUSH_LIST(const rush_figure *) drawn; /* all that are in the sheet, for their credits */
    const rush_apart *apart;              /* the pair that is written; or NULL */
} rush_sheet;

/* sheet_pictures.c. A drawing of the key's, `width` mm wide. */
rush_picture rush_sheet_drawing(rush_sheet *sheet, const rush_figure *figure, double width);
/* Black up to the least length, white up to the greatest, in mm; markup for a picture of that many mm. */
bool rush_sheet_size(rush_sheet *sheet, double least, double greatest, rush_picture *picture);
rush_picture rush_sheet_season(rush_sheet *sheet, uint32_t character, const double *months);
rush_picture rush_sheet_ruler(rush_sheet *sheet);
/* Millimetres in a unit of length; 0 for another unit. */
double rush_sheet_unit(const char *unit);

/* sheet_key.c, sheet_alike.c, sheet_taxon.c */
void rush_sheet_key(rush_sheet *sheet);
void rush_sheet_look_alikes(rush_sheet *sheet);
void rush_sheet_common(rush_sheet *sheet);
void rush_sheet_taxa(rush_sheet *sheet);

/* Ids of a taxon's account and of a couplet. */
const char *rush_sheet_taxon_id(rush_sheet *sheet, uint32_t taxon);
const char *rush_sheet_couplet_id(rush_sheet *sheet, uint32_t couplet);
/* The drawing of what is shown of a character by half of the insects or more; or NULL. */
const rush_figure *rush_sheet_figure(const rush_sheet *sheet, uint32_t character,
                                     const double *weights, uint32_t *state);

#endif

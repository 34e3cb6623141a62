#include "batch.h"

#include "output.h"

bool batch_full(const row_batch *batch)
{
    return batch->row_count == BATCH_ROWS || batch->text.length >= BATCH_BYTES;
}

void batch_add(row_batch *batch, rush_text text, uint32_t number)
{
    batch->rows[batch->row_count++] = (batch_row){batch->text.length, text.length, number};
    rush_buffer_add(&batch->text, text);
    batch->out.failed |= batch->text.failed;
}

rush_text batch_text(const row_batch *batch, uint32_t row)
{
    const batch_row *at = &batch->rows[row];
    if (batch->text.failed || !at->length)
        return (rush_text){"", 0};
    return (rush_text){batch->text.bytes + at->at, at->length};
}

static void end_piece(row_batch *batch, bool error)
{
    size_t from = batch->piece_count ? batch->pieces[batch->piece_count - 1].end : 0;
    if (batch->out.length == from)
        return;
    batch->pieces[batch->piece_count].end = batch->out.length;
    batch->pieces[batch->piece_count++].error = error;
}

void batch_complain(row_batch *batch, const rush_diagnostics *list)
{
    end_piece(batch, false);
    rush_diagnostics_write(list, &batch->out);
    end_piece(batch, true);
}

bool batch_write(row_batch *batch)
{
    size_t from = 0;
    bool written = true;
    for (uint32_t i = 0; i < batch->piece_count; i++) {
        rush_text piece = {batch->out.bytes + from, batch->pieces[i].end - from};
        if (batch->pieces[i].error)
            output_error_text(piece);
        else
            written = written && output_text(piece);
        from = batch->pieces[i].end;
    }
    if (batch->out.length > from)
        written = written &&
                  output_text((rush_text){batch->out.bytes + from, batch->out.length - from});
    if (written && batch->out.failed)
        written = output_write(&batch->out);
    bool good = written && !batch->faulty;
    rush_buffer_clear(&batch->text);
    rush_buffer_clear(&batch->out);
    batch->row_count = batch->piece_count = 0;
    batch->faulty = false;
    return good;
}

void batch_free(row_batch *batch)
{
    rush_buffer_free(&batch->text);
    rush_buffer_free(&batch->out);
}

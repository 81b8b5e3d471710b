using KilnShare.Api.Bookings;
using KilnShare.Api.Costs;
using KilnShare.Api.Firings;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Outcomes;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage.Bookings;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Outcomes;

/// <summary>What a correction makes of a firing's ware: read, refused where something rests on it, written.</summary>
internal sealed class FiringRewriting
{
    private readonly Firing firing;
    private readonly string reason;
    private readonly List<LoadItem> listed;
    private readonly List<CopyRewrite> copies;

    private FiringRewriting(Firing firing, string reason, List<LoadItem> listed, List<CopyRewrite> copies) =>
        (this.firing, this.reason, this.listed, this.copies) = (firing, reason, listed, copies);

    /// <summary>What changes, copy by copy.</summary>
    public IReadOnlyList<CorrectedCopy> Changes =>
        [.. copies.Where(c => c.IsChange).Select(c => new CorrectedCopy(c.Item.PieceId, c.Item.Copy, c.WasIn, c.IsIn, c.Was.Stage, c.Is.Stage))];

    /// <summary>What was really in, to share the cost by.</summary>
    public IReadOnlyList<UsedCopy> Used => [.. Inside.Select(c => new UsedCopy(c.Item.Frozen, c.Item.ShelfNo))];

    private IEnumerable<CopyRewrite> Inside => copies.Where(c => c.IsIn);

    /// <summary>Reads the ware as it was said to be and as it is said to be now; the firing then has the outcome that is said now.</summary>
    public static async Task<Result<FiringRewriting>> Read(KilnShareDb db, Firing firing, FiringCorrectionBody body, CancellationToken cancellation)
    {
        var lines = await db.Set<LoadItem>().AsNoTracking().Where(i => i.StudioId == firing.StudioId && i.FiringId == firing.Id).ToListAsync(cancellation);
        var placed = lines.FindAll(i => i.Fate == LoadFate.Placed);
        var ids = placed.Select(i => i.PieceId).Distinct().ToList();
        var was = (await db.Set<PieceCopy>().AsNoTracking().Where(c => c.StudioId == firing.StudioId && ids.Contains(c.PieceId))
            .ToListAsync(cancellation)).ToDictionary(c => (c.PieceId, c.Copy));
        var kept = placed.ConvertAll(i => CopyRewrite.OfKept(i, firing, was[(i.PieceId, i.Copy)].Now()));
        var outcome = body.Outcome ?? firing.Outcome ?? FiringOutcome.Sound;
        var word = body.Reached?.ToCore() ?? (firing.Heat() is { Basis: HeatBasis.Word } said ? said : null);
        firing.CameOut(outcome, outcome == FiringOutcome.Sound ? null : await FiringHeat.Read(db, firing, word, cancellation));
        if (body.Placed is null) return new FiringRewriting(firing, body.Reason, lines, kept.ConvertAll(c => c.By(firing)));
        if (!(await Named(db, firing, body.Placed, kept, cancellation)).TryGet(out var added, out var refusal)) return refusal;
        var now = added.Select(c => (c.Item.PieceId, c.Item.Copy)).ToHashSet();
        var stays = kept.ConvertAll(c => now.Contains((c.Item.PieceId, c.Item.Copy)) ? c.By(firing) : c.TakenOut());
        return new FiringRewriting(firing, body.Reason, lines, [.. stays, .. added.Where(c => !c.WasIn).Select(c => c.By(firing))]);
    }

    /// <summary>Refuses to change what a later firing, a booking or an outcome rests on, naming it.</summary>
    public async Task<Refusal?> Refuse(KilnShareDb db, CancellationToken cancellation)
    {
        var changes = copies.FindAll(c => c.IsChange);
        var pieces = changes.ConvertAll(c => c.Item.PieceId);
        var later = await (from item in db.Set<LoadItem>().AsNoTracking()
                           join other in db.Set<Firing>().AsNoTracking() on new { item.StudioId, Id = item.FiringId } equals new { other.StudioId, other.Id }
                           where item.StudioId == firing.StudioId && item.FiringId != firing.Id && item.Fate == LoadFate.Placed && pieces.Contains(item.PieceId)
                               && (other.UnloadedAt > firing.UnloadedAt
                                   || other.State == FiringState.Loaded || other.State == FiringState.Heating || other.State == FiringState.Cooling)
                           orderby other.StartsAt
                           select new { item.PieceId, item.Copy, other }).ToListAsync(cancellation);
        if (changes.Find(c => later.Exists(l => l.PieceId == c.Item.PieceId && l.Copy == c.Item.Copy)) is { } resting)
        {
            var went = later.Find(l => l.PieceId == resting.Item.PieceId && l.Copy == resting.Item.Copy)!.other;
            return RestsOn(resting, $"went into the {await FiringWords.Named(db, went, cancellation)} afterwards");
        }

        if (changes.Find(c => c.IsRestedOn) is { } changed) return RestsOn(changed, "was written down otherwise since");
        var outcomes = await db.Set<Outcome>().AsNoTracking().Where(o => o.StudioId == firing.StudioId && o.FiringId == firing.Id)
            .Select(o => new { o.PieceId, o.Copy }).ToListAsync(cancellation);
        if (changes.Find(c => !c.IsIn && outcomes.Exists(o => o.PieceId == c.Item.PieceId && o.Copy == c.Item.Copy)) is { } seen)
            return RestsOn(seen, "has its outcome of this firing written down, so it was in");
        var booked = await (from copy in db.Set<BookedCopy>().AsNoTracking()
                            join other in db.Set<Firing>().AsNoTracking() on new { copy.StudioId, Id = copy.FiringId } equals new { other.StudioId, other.Id }
                            where copy.StudioId == firing.StudioId && copy.FiringId != firing.Id && copy.State != BookingState.Withdrawn
                                && pieces.Contains(copy.PieceId)
                            select new { copy.PieceId, copy.Copy, copy.Step, other }).ToListAsync(cancellation);
        bool IsBooked(CopyRewrite change, Id<Piece> piece, int copy, int step) =>
            piece == change.Item.PieceId && copy == change.Item.Copy && step == change.Before.Step;
        if (changes.Find(c => c.IsDoneAfterAll && booked.Exists(b => IsBooked(c, b.PieceId, b.Copy, b.Step))) is not { } again) return null;
        var next = booked.Find(b => IsBooked(again, b.PieceId, b.Copy, b.Step))!.other;
        return RestsOn(again, $"is booked for this step in the {await FiringWords.Named(db, next, cancellation)}", "Withdraw that booking first.");
    }

    /// <summary>Writes the list, moves the copies, and tells those who booked them for later.</summary>
    public async Task Write(KilnShareDb db, Id<Member> member, IClock clock, CancellationToken cancellation)
    {
        await db.Set<LoadItem>().Where(i => i.StudioId == firing.StudioId && i.FiringId == firing.Id).ExecuteDeleteAsync(cancellation);
        var known = copies.Select(c => (c.Item.PieceId, c.Item.Copy)).ToHashSet();
        db.AddRange(listed.Where(i => !known.Contains((i.PieceId, i.Copy))));
        foreach (var copy in Inside) copy.Item.Before = copy.Before;
        List<LoadItem> inside = [.. Inside.Select(c => c.Item)];
        db.AddRange(inside);
        db.AddRange(copies.Where(c => !c.IsIn)
            .Select(c => new LoadItem(firing.StudioId, firing.Id, c.Item.PieceId, c.Item.Copy, LoadFate.LeftBehind, c.Item.Frozen) { Reason = reason }));
        firing.Version++;
        await db.SaveChangesAsync(cancellation);
        var added = copies.Where(c => !c.WasIn).ToDictionary(c => (c.Item.PieceId, c.Item.Copy), c => c.Before.Step);
        await LoadedAlong.Write(db, firing, inside, added, member, clock, cancellation);
        var rows = await FiredCopies.Read(db, firing, [.. copies.Select(c => c.Item)], cancellation);
        foreach (var copy in copies.Where(c => c.IsChange))
        {
            if (copy.IsIn) rows.Become(copy.Item, copy.Is, copy.Before.Step);
            else rows.TakeOut(copy.Item, copy.Is);
        }

        await LaterSteps.Note(
            db, firing.StudioId, member, [.. copies.Where(c => c.IsChange).Select(c => (c.Item.PieceId, c.Item.Copy, c.Before.Step))], clock, cancellation);
    }

    /// <summary>The copies that are named: those that were in by the old list, and those that were not.</summary>
    private static async Task<Result<List<CopyRewrite>>> Named(
        KilnShareDb db, Firing firing, IReadOnlyList<BookedPieceContract> placed, List<CopyRewrite> kept, CancellationToken cancellation)
    {
        var now = await db.ReadCopies(firing.StudioId, [.. placed.Select(p => new Id<Piece>(p.PieceId)).Distinct()], cancellation);
        var named = new Dictionary<(Id<Piece>, int), CopyRewrite>();
        for (var i = 0; i < placed.Count; i++)
        {
            var (piece, wanted) = (new Id<Piece>(placed[i].PieceId), placed[i].Copies);
            var chosen = now.Where(c => c.Piece.Id == piece && (wanted is null || wanted.Contains(c.Copy.Copy))).ToList();
            if (chosen.Count == 0 || (wanted is not null && chosen.Count != wanted.Count))
                return Refusal.Rule(
                    "bookings.no-such-copy", "There is no such piece or copy in your studio. Check the id and the copies.", $"/placed/{i}/pieceId");
            foreach (var copy in chosen)
            {
                var old = kept.Find(k => k.Item.PieceId == piece && k.Item.Copy == copy.Copy.Copy);
                var rewrite = old ?? CopyRewrite.OfAdded(
                    new LoadItem(firing.StudioId, firing.Id, piece, copy.Copy.Copy, LoadFate.Placed, copy.FrozenFor(firing.Aim.Kind)), copy.Copy.Now());
                if (!named.TryAdd((piece, copy.Copy.Copy), rewrite))
                    return Refusal.Rule("bookings.copy-twice", $"{WareNames.CopyOf(copy.Frozen, copy.Copy.Copy)} stands twice.", $"/placed/{i}/copies");
            }
        }

        var steps = named.Values.Where(c => !c.WasIn).Select(c => (c.Item.PieceId, c.Item.Copy, c.Before.Step)).ToHashSet();
        return await StayedBehind.Unqueue(db, firing, steps, cancellation) is { } elsewhere ? elsewhere with { Pointer = "/placed" } : named.Values.ToList();
    }

    private static Refusal RestsOn(CopyRewrite copy, string what, string next = "It stays as it is: put right only what does not concern it.") =>
        Refusal.Conflict(
        "firings.rested-on", $"{WareNames.CopyOf(copy.Item.Frozen, copy.Item.Copy)} {what}. {next}") with
        {
            Values = new Dictionary<string, object?>(StringComparer.Ordinal) { ["pieceId"] = copy.Item.PieceId.Value, ["copy"] = copy.Item.Copy },
        };
}

using KilnShare.Api.Access;
using KilnShare.Api.Bookings;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Outcomes;
using KilnShare.Core.Pieces;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Outcomes;

/// <summary>What an outcome makes of the copy: a lost one is fired no more, and is there again when the outcome is put right.</summary>
internal static class OutcomeLoss
{
    /// <summary>Lets the copy follow its outcome as it is now said; refuses a loss of ware that was fired again since.</summary>
    public static async Task<Refusal?> Follow(
        KilnShareDb db, Caller caller, Outcome outcome, LoadItem item, Firing firing, IClock clock, CancellationToken cancellation)
    {
        var studio = outcome.StudioId;
        if (await db.FindAsync<PieceCopy>([studio, outcome.PieceId, outcome.Copy], cancellation) is not { } copy) return null;
        if (outcome.Grade == OutcomeGrade.Lost)
        {
            if (await FiredSince(db, outcome, firing, cancellation) is { } later)
                return Refusal.Conflict(
                    "outcomes.fired-since",
                    $"{WareNames.CopyOf(item.Frozen, outcome.Copy)} went into the {later} afterwards, so it was not lost in this firing. Write it down "
                        + $"for that one.", "/grade");
            if (copy.Stage == Stage.Lost) return null;
            copy.Stage = Stage.Lost;
            await LaterSteps.Note(db, studio, caller.MemberId, [(outcome.PieceId, outcome.Copy, copy.Step - 1)], clock, cancellation);
            return null;
        }

        if (copy.Stage != Stage.Lost || await IsLostElsewhere(db, outcome, cancellation)) return null;
        copy.Stage = CopyRewrite.AsFired(item, firing, copy.Now()).Stage;
        return null;
    }

    /// <summary>Nobody judges ware before the kiln is open, or after now.</summary>
    public static Refusal? JudgedTooSoon(OutcomeDescription words, Firing firing, IClock clock) => words.JudgedAt switch
    {
        { } at when at < firing.UnloadedAt => Refusal.Rule(
            "outcomes.judged-before-open", "The kiln was not open yet at that time. Say when the ware was looked at after unloading.", "/judgedAt"),
        { } at when at > clock.GetCurrentInstant() =>
            Refusal.Rule("outcomes.judged-later", "That time is still to come. Leave judgedAt out, or say when the ware was looked at.", "/judgedAt"),
        _ => null,
    };

    private static async Task<string?> FiredSince(KilnShareDb db, Outcome outcome, Firing firing, CancellationToken cancellation)
    {
        var later = await (from item in db.Set<LoadItem>().AsNoTracking()
                           join other in db.Set<Firing>().AsNoTracking() on new { item.StudioId, Id = item.FiringId } equals new { other.StudioId, other.Id }
                           where item.StudioId == outcome.StudioId && item.PieceId == outcome.PieceId && item.Copy == outcome.Copy
                               && item.Fate == LoadFate.Placed
                               && other.StartsAt > firing.StartsAt && other.State != FiringState.Cancelled
                           orderby other.StartsAt
                           select other).FirstOrDefaultAsync(cancellation);
        return later is null ? null : await Firings.FiringWords.Named(db, later, cancellation);
    }

    private static Task<bool> IsLostElsewhere(KilnShareDb db, Outcome outcome, CancellationToken cancellation) => db.Set<Outcome>().AnyAsync(
        o => o.StudioId == outcome.StudioId && o.PieceId == outcome.PieceId && o.Copy == outcome.Copy && o.Id != outcome.Id
            && o.Grade == OutcomeGrade.Lost, cancellation);
}

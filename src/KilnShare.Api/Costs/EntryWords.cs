using KilnShare.Api.Common;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>What ledger entries are for, in words: the entries themselves carry opaque ids only.</summary>
internal sealed class EntryWords
{
    private readonly Dictionary<Guid, string> firings = [];
    private Dictionary<Guid, Payment> payments = [];
    private Dictionary<Guid, FiringIncident> incidents = [];
    private Dictionary<Guid, BookingFee> fees = [];

    private EntryWords()
    {
    }

    /// <summary>Looks up all that these entries speak of.</summary>
    /// <param name="db">The studio's rows.</param>
    /// <param name="zone">Its clock.</param>
    /// <param name="closed">What things were called when the month was closed; null where it is open.</param>
    /// <param name="entries">The entries.</param>
    /// <param name="cancellation">Stops it.</param>
    public static async Task<EntryWords> Read(
        KilnShareDb db, DateTimeZone zone, ClosingNames? closed, IEnumerable<LedgerEntry> entries, CancellationToken cancellation)
    {
        var subjects = entries.Select(e => e.Subject).Distinct(StringComparer.Ordinal).Select(Guid.Parse).ToList();
        var words = new EntryWords();
        await words.ReadSubjects(db, subjects, cancellation);
        var firingIds = subjects.Concat(words.incidents.Values.Select(i => i.FiringId.Value)).Concat(words.fees.Values.Select(f => f.FiringId.Value))
            .Distinct().Select(s => new Id<Firing>(s)).ToList();
        var found = await db.Set<Firing>().AsNoTracking().Where(f => firingIds.Contains(f.Id)).ToListAsync(cancellation);
        var kilnIds = found.Select(f => f.KilnId).Distinct().ToList();
        var kilns = await db.Set<Kiln>().AsNoTracking().Where(k => kilnIds.Contains(k.Id)).ToDictionaryAsync(k => k.Id, k => k.Making.Name, cancellation);
        foreach (var firing in found)
            words.firings[firing.Id.Value] = OfFiring(firing, closed?.Kilns.GetValueOrDefault(firing.KilnId.ToString()) ?? kilns[firing.KilnId], zone);
        return words;
    }

    /// <summary>A firing in words: kind, cone, kiln and the day it was lit.</summary>
    public static string OfFiring(Firing firing, string kiln, DateTimeZone zone) =>
        $"{Spaced(EnumWord<FiringKind>.Of(firing.Aim.Kind))} firing to cone {firing.Aim.Cone}, {kiln}, {Day(firing.LitAt ?? firing.StartsAt, zone)}";

    /// <summary>A day in the studio's zone.</summary>
    public static string Day(Instant at, DateTimeZone zone) => NodaTime.Text.LocalDatePattern.Iso.Format(at.InZone(zone).Date);

    /// <summary>What an entry is for.</summary>
    public string What(LedgerEntry entry)
    {
        var subject = Guid.Parse(entry.Subject);
        var what = payments.TryGetValue(subject, out var payment) ? Spaced(EnumWord<PaymentKind>.Of(payment.Kind))
            : incidents.TryGetValue(subject, out var incident) ? $"damage in the {firings.GetValueOrDefault(incident.FiringId.Value)}: {entry.Part}"
            : fees.TryGetValue(subject, out var fee) ? $"{WordOf(fee.Kind)} the {firings.GetValueOrDefault(fee.FiringId.Value)}"
            : $"{firings.GetValueOrDefault(subject)}: {entry.Part}";
        return entry.Kind == EntryKind.Reversal ? "taken back: " + what : what;
    }

    /// <summary>The words written down beside it; null where there are none.</summary>
    public string? Note(LedgerEntry entry) =>
        payments.GetValueOrDefault(Guid.Parse(entry.Subject))?.Reason ?? incidents.GetValueOrDefault(Guid.Parse(entry.Subject))?.Reason;

    private async Task ReadSubjects(KilnShareDb db, List<Guid> subjects, CancellationToken cancellation)
    {
        var paymentIds = subjects.ConvertAll(s => new Id<Payment>(s));
        var incidentIds = subjects.ConvertAll(s => new Id<FiringIncident>(s));
        var bookingIds = subjects.ConvertAll(s => new Id<Booking>(s));
        payments = await db.Set<Payment>().AsNoTracking().Where(p => paymentIds.Contains(p.Id)).ToDictionaryAsync(p => p.Id.Value, cancellation);
        incidents = await db.Set<FiringIncident>().AsNoTracking().Where(i => incidentIds.Contains(i.Id)).ToDictionaryAsync(i => i.Id.Value, cancellation);
        fees = await db.Set<BookingFee>().AsNoTracking().Where(f => bookingIds.Contains(f.BookingId)).ToDictionaryAsync(f => f.BookingId.Value, cancellation);
    }

    private static string WordOf(BookingFeeKind kind) => kind == BookingFeeKind.Withdrawal ? "late withdrawal from" : "calling off of";

    /// <summary>A word of the API with its humps as spaces: <c>writeOff</c> becomes write off.</summary>
    private static string Spaced(string word) =>
        string.Concat(word.Select(c => char.IsAsciiLetterUpper(c) ? " " + char.ToLowerInvariant(c) : c.ToString()));
}

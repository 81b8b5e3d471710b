using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Costs;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>Payments, and charges and credits outside of firings.</summary>
public static class PaymentEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapPayments(this RouteGroupBuilder studio)
    {
        var payments = studio.MapGroup("/payments").WithTags("Costs");
        payments.MapPost("", Create).WithName("createPayment").NeedsKey().Answers<PaymentAnswer>(201).Refuses(409, 422);
        payments.MapGet("", List).WithName("listPayments").Answers<Page<PaymentAnswer>>();
    }

    /// <summary>Write a payment down</summary>
    /// <remarks>Goes into the books at once and is never changed; what was wrong is put right by another. Needs an Idempotency-Key.</remarks>
    private static async Task<IResult> Create(
        PaymentBody body, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        var member = new Id<Member>(body.MemberId);
        if (await db.FindAsync<Member>([caller.StudioId, member], cancellation) is null) return Problems.Of(NoSuchMember("/memberId"));
        var currency = await StudioReading.CurrencyOf(db, cancellation);
        var payment = new Payment(
            caller.StudioId, NewId.Of<Payment>(clock), member, body.Kind, body.AmountMinor, body.Reason, caller.MemberId, clock.GetCurrentInstant());
        var answer = PaymentAnswer.Of(payment, currency.Code);
        await db.HoldAccount(caller.StudioId, member, cancellation);
        if (payment.Check(await db.Balance(caller.StudioId, Account.OfMember(member.ToString()), cancellation)) is { } wrong) return Problems.Of(wrong);
        db.Add(payment);
        db.AddEntries(caller.StudioId, [payment.Entry(currency)]);
        Trail.Note(db, caller.StudioId, caller.MemberId, "payments.create", payment.Id.Value, clock);
        await db.SaveChangesAsync(cancellation);
        return TypedResults.Created((string?)null, answer);
    }

    /// <summary>List the payments</summary>
    private static async Task<IResult> List(
        Caller caller, HttpContext context, KilnShareDb db, Guid? memberId, string? after, int? limit, CancellationToken cancellation)
    {
        if (Pages.Read(after, limit, out var from, out var take) is { } refusal) return Problems.Of(refusal);
        var start = new Id<Payment>(from);
        var currency = await StudioReading.CurrencyOf(db, cancellation);
        var payments = db.Set<Payment>().AsNoTracking().Where(p => p.StudioId == caller.StudioId);
        if (memberId is { } asked) payments = payments.Where(p => p.MemberId == new Id<Member>(asked));
        var rows = await payments.Where(p => EF.Functions.GreaterThan(ValueTuple.Create(p.Id), ValueTuple.Create(start)))
            .OrderBy(p => p.Id).Take(take + 1).ToListAsync(cancellation);
        return Pages.Answer(context, rows, take, p => p.Id.Value, p => PaymentAnswer.Of(p, currency.Code));
    }

    /// <summary>The refusal of a member that the studio does not have.</summary>
    internal static Refusal NoSuchMember(string pointer) =>
        Refusal.Rule("costs.no-such-member", "There is no such member in your studio. Check the id.", pointer);
}

using KilnShare.Core.Bookings;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage.Common;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Bookings;

internal static class BookingTables
{
    public static void Map(ModelBuilder model)
    {
        MapBookings(model);
        MapPlan(model);
    }

    private static void MapBookings(ModelBuilder model)
    {
        model.Entity<FiringLoad>(t =>
        {
            t.ToTable("firing_load", c =>
                c.HasCheckConstraint("ck_firing_load_mass", "booked_mass_g >= 0 and (mass_limit_g is null or booked_mass_g <= mass_limit_g)"));
            t.HasKey(l => new { l.StudioId, l.FiringId });
            t.HasOne<Firing>().WithOne().HasForeignKey<FiringLoad>(l => new { l.StudioId, l.FiringId }).OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<Booking>(t =>
        {
            t.ToTable("booking", c =>
            {
                c.HasCheckConstraint("ck_booking_waits", "(state = 'Waiting') = (waits_for is not null)");
                c.HasCheckConstraint("ck_booking_reserve", "reserved_until is null or (state <> 'Waiting' and reserve_id is null)");
                c.HasCheckConstraint(
                    "ck_booking_approval", "(approved_by is null) = (approved_at is null) and (approved_by is null or technician_reason is not null)");
                c.HasCheckConstraint("ck_booking_offer", "offered_at is null or state = 'Waiting'");
                c.HasCheckConstraint("ck_booking_let_go", "(let_go_at is null) = (let_go_reason is null) and (let_go_at is null or state = 'Withdrawn')");
            });
            t.HasKey(b => new { b.StudioId, b.Id });
            t.HasIndex(b => new { b.StudioId, b.FiringId });
            t.HasIndex(b => new { b.StudioId, b.WaitsFor, b.Id }).HasFilter("waits_for is not null");
            t.HasIndex(b => new { b.StudioId, b.MemberId, b.Id });
            t.HasOne<Firing>().WithMany().HasForeignKey(b => new { b.StudioId, b.FiringId }).OnDelete(DeleteBehavior.Restrict);
            t.HasOne<Member>().WithMany().HasForeignKey(b => new { b.StudioId, b.MemberId }).OnDelete(DeleteBehavior.Restrict);
            t.HasOne<Member>().WithMany().HasForeignKey(b => new { b.StudioId, b.ApprovedBy }).OnDelete(DeleteBehavior.Restrict);
            t.HasOne<Booking>().WithMany().HasForeignKey(b => new { b.StudioId, b.ReserveId }).OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<BookedCopy>(t =>
        {
            t.ToTable("booked_copy", c =>
            {
                c.HasCheckConstraint("ck_booked_copy_place", "(state = 'Confirmed') = (shelf_no is not null)");
                c.HasCheckConstraint("ck_booked_copy_room", "is_room = (coalesce(frozen -> 'ware', 'null') = 'null')");
            });
            t.HasKey(c => new { c.StudioId, c.BookingId, c.PieceId, c.Copy });
            t.Ignore(c => c.Place);
            t.Property(c => c.Frozen).AsJson();
            t.HasIndex(c => new { c.StudioId, c.PieceId, c.Copy, c.Step }).IsUnique().HasFilter("state <> 'Withdrawn' and step >= 0")
                .HasDatabaseName("ux_booked_copy_live");
            t.HasIndex(c => new { c.StudioId, c.FiringId });
            t.HasIndex(c => new { c.StudioId, c.PieceId, c.Copy });
            t.HasOne<Booking>().WithMany().HasForeignKey(c => new { c.StudioId, c.BookingId }).OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<LoadItem>(t =>
        {
            t.ToTable("load_item", c => c.HasCheckConstraint("ck_load_item_reason", "(fate = 'LeftBehind') = (reason is not null)"));
            t.HasKey(i => new { i.StudioId, i.FiringId, i.PieceId, i.Copy });
            t.Property(i => i.Frozen).AsJson();
            t.Property(i => i.Before).AsJson();
            t.Property(i => i.Reason).HasMaxLength(StudioLimits.MaxNote);
            t.HasOne<Firing>().WithMany().HasForeignKey(i => new { i.StudioId, i.FiringId }).OnDelete(DeleteBehavior.Restrict);
            t.HasOne<PieceCopy>().WithMany().HasForeignKey(i => new { i.StudioId, i.PieceId, i.Copy }).OnDelete(DeleteBehavior.Restrict);
        });
    }

    private static void MapPlan(ModelBuilder model)
    {
        model.Entity<PlanGround>(t =>
        {
            t.ToTable("plan_ground");
            t.HasKey(g => new { g.StudioId, g.FiringId });
            t.Property(g => g.Making).AsJson();
            t.Property(g => g.Furniture).AsJson();
            t.HasOne<Firing>().WithOne().HasForeignKey<PlanGround>(g => new { g.StudioId, g.FiringId }).OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<PlanShelf>(t =>
        {
            t.ToTable("plan_shelf");
            t.HasKey(s => new { s.StudioId, s.FiringId, s.ShelfNo });
            t.Property(s => s.AreaUse).HasPrecision(6, 3);
            t.HasOne<Firing>().WithMany().HasForeignKey(s => new { s.StudioId, s.FiringId }).OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<PlanPost>(t =>
        {
            t.ToTable("plan_post");
            t.HasKey(p => new { p.StudioId, p.FiringId, p.PostNo });
            t.Property(p => p.From).HasColumnName("from_um");
            t.Property(p => p.To).HasColumnName("to_um");
            t.HasOne<Firing>().WithMany().HasForeignKey(p => new { p.StudioId, p.FiringId }).OnDelete(DeleteBehavior.Restrict);
        });
    }
}
